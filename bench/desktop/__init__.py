"""The program's place on a desktop: menu entry, icon, and the rule that opens serial ports to who sits there."""
