"""What every request must pass: the guard, sessions and the passphrase.

Host, Origin, passphrase, the form's token, in this order. A session lives in the program's memory; the
cookie holds a random key and nothing to sign or read. Closing the desk, logging out, half an hour's rest
or a new passphrase, set here or in another desk, ends it there, not only in the browser. A form that came too
late, or while the record was busy, is shown again with what was typed.

The first passphrase takes a code from whoever opened the desk, so that no other account of the machine sets
it first: `invitation` hands it to the browser through a page that only its owner can read. Wrong guesses of
strangers wait up to 30 seconds. The teacher waits for none of them: neither in a browser that she used since
the desk was opened, nor, where the system tells (`accounts`), in any program of her own account.
"""
