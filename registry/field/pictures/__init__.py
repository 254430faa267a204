"""Photos as bytes: what they are, and what is taken out of them before they are kept."""
