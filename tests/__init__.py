"""The tests; a test's name is the sentence that must hold."""
