"""The Qt window: pages, dialogs, pictures."""
