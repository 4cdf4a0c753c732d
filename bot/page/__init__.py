"""The chat page: HTML, styles and script, served as they are. No framework and nothing from elsewhere."""
