"""The pages: server-rendered, thin callers of the same functions the commands call."""
