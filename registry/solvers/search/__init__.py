"""Our own search: ruin and recreate with exact lunch clocks, compiled to machine code."""
