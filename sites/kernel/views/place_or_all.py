"""The page of a verb that sets something at one property, or at all of them."""

from typing import Any

from sites.kernel.access import may_everywhere, properties_for
from sites.kernel.views.verb_views import VerbView


class PlaceOrAllView(VerbView[None]):
    """A verb whose form is a `PlaceOrAllForm`: properties where the user has its action."""

    def find(self) -> None:
        return None

    def get_form_kwargs(self) -> dict[str, Any]:
        places = properties_for(self.user, self.may_do).in_care().order_by("name", "pk")
        return {
            **super().get_form_kwargs(),
            "places": list(places),
            "may_all": may_everywhere(self.user, self.may_do),
        }
