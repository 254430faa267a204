"""What a technician needs at the gate: where every part is, what to bring, do and put back."""
