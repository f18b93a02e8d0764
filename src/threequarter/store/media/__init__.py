"""Media: the files of clips on this disk or in an S3-compatible store, and how long they are kept."""
