"""In which language and in which unit of length the site speaks, and its translations (`words/`)."""
