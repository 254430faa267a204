"""Frozen records that all stages share; nothing here knows a database, a file or a clock."""
