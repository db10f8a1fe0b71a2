"""Records as keys: each is itself only, whether it is saved or not."""

import pytest

from sites.load.services.identity import Identity, IdentityMap, IdentitySet
from sites.models import Property


def test_two_new_records_are_two_keys_though_django_hashes_neither() -> None:
    one, other = Property(code="A"), Property(code="A")
    with pytest.raises(TypeError):
        hash(one)
    known = {(Identity(one), "A"): 1, (Identity(other), "A"): 2}
    assert known[Identity(one), "A"] == 1
    assert known[Identity(other), "A"] == 2


def test_a_second_copy_of_a_saved_record_is_another_key() -> None:
    one, copy = Property(pk=7), Property(pk=7)
    assert one == copy
    assert Identity(one) != Identity(copy)
    assert copy not in IdentityMap([(one, "first")])
    assert copy not in IdentitySet([one])


def test_a_record_stays_the_same_key_when_it_is_saved() -> None:
    one = Property(code="A")
    names, seen, key = IdentityMap([(one, "first")]), IdentitySet([one]), {Identity(one): "first"}
    one.pk = 7
    assert names[one] == key[Identity(one)] == "first"
    assert one in seen


def test_a_map_keeps_its_records_in_order_and_replaces_values() -> None:
    one, other = Property(code="A"), Property(code="B")
    names: IdentityMap[Property, list[int]] = IdentityMap()
    names.setdefault(one, []).append(1)
    names.setdefault(other, []).append(2)
    names.setdefault(one, []).append(3)
    assert [(place.code, numbers) for place, numbers in names.items()] == [
        ("A", [1, 3]),
        ("B", [2]),
    ]
    assert names.pop(one) == [1, 3]
    assert names.get(one) is None
    assert len(names) == 1


def test_sets_of_records_compare_and_subtract_by_identity() -> None:
    one, other = Property(code="A"), Property(code="B")
    both = IdentitySet([one, other, one])
    assert [place.code for place in both] == ["A", "B"]
    assert both == IdentitySet([other, one])
    assert both != IdentitySet([one])
    assert list(both - IdentitySet([one])) == [other]
