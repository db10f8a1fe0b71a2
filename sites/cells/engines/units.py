"""Exact factors between the units of the two systems that properties use.

Sources: the inch is 25.4 mm and the US gallon 231 cubic inches, both exact by definition
(NIST Handbook 44, appendix C; from memory).
"""

from decimal import Decimal

FT_PER_M = Decimal(1) / Decimal("0.3048")
SQFT_PER_M2 = Decimal(1) / (Decimal("0.3048") * Decimal("0.3048"))
IN_PER_CM = Decimal(1) / Decimal("2.54")
IN_PER_MM = Decimal(1) / Decimal("25.4")
LITRE_PER_GALLON = Decimal("3.785411784")
GPM_PER_LITRE_PER_MIN = Decimal(1) / LITRE_PER_GALLON
GPM_PER_LITRE_PER_H = GPM_PER_LITRE_PER_MIN / 60
GPM_PER_M3_PER_H = GPM_PER_LITRE_PER_MIN * Decimal(1000) / 60
GALLONS_PER_CUBIC_FOOT = Decimal(1728) / Decimal(231)
GALLONS_PER_PRICE_UNIT = {
    "kgal": Decimal(1000),
    "HCF": GALLONS_PER_CUBIC_FOOT * 100,
    "m3": Decimal(1000) / LITRE_PER_GALLON,
}
