"""Find anything that a user may see by what people type, also with a letter or two wrong.

`places` finds properties, `numbered` stations by controller and number, `named` whatever has a
name; `everything` asks them all and groups what they find.
"""
