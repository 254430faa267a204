"""Records into files that need a library: GeoPackage, stand-alone maps."""
