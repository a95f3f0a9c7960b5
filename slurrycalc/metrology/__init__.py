"""Numbers with units and uncertainty: the floor that everything else counts on."""
