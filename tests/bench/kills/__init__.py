"""The service as its operator starts it, killed at random while people and programs write.

`relay` is the line to PostgreSQL that can be cut, `keeping` a program that is started again when it
ends, `services` all of them, `harm` how each is killed, `scene` the register and who is signed in,
`asking` and `writing` what is sent and sent again, `ledger` what was acknowledged, `reckoning`
compares it with the database.
"""
