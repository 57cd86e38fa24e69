"""The form for a website: its page, and the script that puts it into another one."""
