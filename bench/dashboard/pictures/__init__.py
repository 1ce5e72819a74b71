"""Every face of the window in every state, from invented work on the example jobs: no instrument, no rehearsal."""
