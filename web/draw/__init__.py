"""Riserway's own pictures: records in, SVG text out.

Nothing here reads a file, a clock or the store. Every picture is one SVG with a title and a
description, carries all its looks in presentation attributes (so it stands alone in a file, and a
policy without inline styles passes), and has a table beside it that says the same in words.
"""
