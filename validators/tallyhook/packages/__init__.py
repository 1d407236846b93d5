"""Rating packages: loading, schemas, sealing, looking up, exporting."""
