"""Our circuits against ngspice's transients."""
