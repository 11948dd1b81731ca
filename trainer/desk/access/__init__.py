"""What every request must pass: the guard, sessions and the passphrase.

Host, Origin, passphrase, the form's token, in this order. A session lives in the program's memory; the
cookie holds a random key and nothing to sign or read. Closing the desk, logging out, half an hour's rest
or a new passphrase ends it there, not only in the browser. A form that came too late, or while the record
was busy, is shown again with what was typed. The first passphrase takes a token from the address that the
desk itself opened, usable once, so that no other program of the machine sets it first. Wrong guesses wait
up to 30 seconds and nobody is shut out.
"""
