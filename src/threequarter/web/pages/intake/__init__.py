"""From a file, pasted text or typed lines to a kept session."""
