"""The application at the winding bench: from what a transformer is to what was tested and recorded."""
