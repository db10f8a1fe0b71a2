"""Names of notice regions, as properties and rules write them."""


def region_key(region: str) -> str:
    """Return a region's name as it is compared: capitals and stray spaces do not count."""
    return " ".join(region.split()).casefold()
