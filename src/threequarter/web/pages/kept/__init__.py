"""What is kept: history and trash, backups, export, erasing."""
