"""Puts messages into words for one reader: their language and their units.

What is below answers with :class:`wetend.units.message.Message` values; pages, printed sheets and
commands say them here and nowhere else. Catalogues are gettext's. The program ships English alone,
which is what the messages' ids are; another language is a file (see docs/adding-a-language.md).
"""
