"""Addresses of rows: the same as the resolver's, worked out once for each page."""

from unittest.mock import patch

import pytest
from django.template import Context, Template
from django.urls import NoReverseMatch, reverse, set_script_prefix
from django.urls.resolvers import URLResolver

from sites.kernel.links import page_of
from sites.models.base import REF_ALPHABET, new_ref

NAMES = ("reports:station", "reports:property", "faults:fault", "sites:controller", "faults:leg")


@pytest.mark.parametrize("name", NAMES)
def test_the_address_is_the_resolvers(name: str) -> None:
    for ref in (new_ref(), REF_ALPHABET[0] * 10, REF_ALPHABET[-1] * 10):
        assert page_of(name, ref) == reverse(name, args=[ref])


def test_it_follows_the_prefix_under_which_the_site_is_served() -> None:
    ref = new_ref()
    plain = page_of("reports:station", ref)
    try:
        set_script_prefix("/water/")
        assert page_of("reports:station", ref) == f"/water{plain}"
    finally:
        set_script_prefix("/")
    assert page_of("reports:station", ref) == plain


def test_a_second_row_asks_the_resolver_no_more() -> None:
    page_of("reports:station", new_ref())
    with patch.object(URLResolver, "_reverse_with_prefix", side_effect=AssertionError):
        assert page_of("reports:station", new_ref())


@pytest.mark.parametrize("ref", ["", None])
def test_no_reference_is_refused_and_not_linked_to_a_wrong_page(ref: str) -> None:
    with pytest.raises(NoReverseMatch, match="Expected the reference"):
        page_of("reports:station", ref)


def test_an_address_of_more_than_a_reference_is_refused() -> None:
    with pytest.raises(NoReverseMatch):
        page_of("faults:where", new_ref())


def test_a_template_writes_it() -> None:
    ref = new_ref()
    written = Template("{% load register %}{% page_of 'reports:station' ref %}")
    assert written.render(Context({"ref": ref})) == reverse("reports:station", args=[ref])
