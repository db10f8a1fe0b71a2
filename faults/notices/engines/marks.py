"""How near to a mark on the ground only hand tools or the like may dig."""

COMMON_BESIDE_IN = 18


def hand_dug_beside_in(of_the_place: float | None) -> float:
    """Return the inches each side of what is marked, from its outside edges, dug by hand.

    A place's larger figure wins over the common 18 in, a smaller one does not.

    Args:
        of_the_place: None = not stated.

    Source: CGA Best Practices 5.19, commongroundalliance.com/node/273.
    """
    if of_the_place is not None and of_the_place <= 0:
        raise ValueError(f"Expected of_the_place > 0, got {of_the_place}")
    return max(COMMON_BESIDE_IN, of_the_place or 0)
