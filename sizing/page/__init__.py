"""Views of the page: each asks one question in plain words and answers it in a sentence first."""
