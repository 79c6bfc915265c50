"""What a form says where the framework's own words would stand: what to do, as plainly as the rest."""
