"""Files into records and rejects: formats, columns, checks; nothing here knows the store."""
