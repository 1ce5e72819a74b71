"""What goes on beside the window: threads at the bench, and the bridge to them."""
