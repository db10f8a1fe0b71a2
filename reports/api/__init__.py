"""Doors for other programs: the register and the work read as JSON, and a few verbs called by it.

It knows no fact and no rule of its own. Rows of the register are those of the export
(`ExportSheet`), by the same columns; other lists ask the queries of their pages; what a program
sends is checked by the page's own form and written by the page's own verb. A token
(`sites.people.services.tokens`) narrows its user's grants before anything is asked, so every
access rule holds by itself.

django-ninja, because its operations are plain typed functions on Django's requests, pydantic
checks what comes in and what goes out, and the OpenAPI document is made from the same types.
Addresses begin with /api/v1/. Within v1 fields and operations are added, never changed or taken
away; what is to go is marked `deprecated` in the document, and answers with a Deprecation header
(RFC 9745) for a year at least, before a v2 leaves it out.
"""
