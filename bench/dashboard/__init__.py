"""The bench at a glance, from two metres: Qt views over the same objects as the command line."""
