"""A page on this computer on which a chart lies beside its photographs, as on a light table."""
