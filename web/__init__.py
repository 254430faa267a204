"""The pages: what people see of the registry, drawn and worded on the server."""
