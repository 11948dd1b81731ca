"""A network and a server that fail, between screens that write and their record.

`python -m tests.faults --count N`: a proxy drops, holds and cuts what screens send, also in the middle of a
COMMIT; the server is stopped, killed and started anew; screens are killed. Nothing may be lost or doubled,
and no pen-up may wait for any of it.
"""
