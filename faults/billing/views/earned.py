"""What it earned: quoted, spent and billed beside each other, with the hours that nobody pays."""

from collections.abc import Iterator, Sequence

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.billing.charts import earned_figure
from faults.billing.engines.earning import By, Row
from faults.billing.forms.earned import BY_CHOICES, EarnedForm
from faults.billing.services.earned import earned
from sites.cells.services.shown import Cell, number
from sites.cells.services.writing import Written
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file

# As many as one reads; the file has all.
MOST_SHOWN = 200


@page_for(Action.SEE_RATES)
def earnings(request: SignedInRequest) -> HttpResponse:
    """The figures of a period by fault, client, cause or kind of job."""
    form = EarnedForm(request.GET, today=timezone.localdate())
    context: dict[str, object] = {"form": form}
    if form.is_valid():
        data = form.cleaned_data
        by = By(data["by"])
        found = earned(request.user, by, since=data["since"], until=data["until"])
        if kind := wanted_file(request):
            return list_file(_written(found.rows, by), kind=kind)
        query = request.GET.copy()
        query.pop("export", None)
        context |= {
            "found": found,
            "rows": found.rows[:MOST_SHOWN],
            "is_shortened": len(found.rows) > MOST_SHOWN,
            "by_word": dict(BY_CHOICES)[by.value],
            "query": query.urlencode(),
            "figures": _figures(found.rows, [row.currency for row in found.totals]),
        }
    status = 422 if form.errors else 200
    return render(request, "faults/billing/earned.html", context, status=status)


def _figures(rows: Sequence[Row], currencies: Sequence[str]) -> list[dict[str, object]]:
    return [
        {
            "id": f"earned-figure-{n}",
            "title": _("Quoted, spent and billed, %s") % (currency or _("currency not known")),
            "figure": earned_figure(rows, currency),
        }
        for n, currency in enumerate(currencies)
    ]


def _written(rows: Sequence[Row], by: By) -> Written:
    headings = [
        str(dict(BY_CHOICES)[by.value]).capitalize(), _("Currency"), _("Quoted"), _("Spent"),
        _("Billed"), _("Not billed yet"), _("Man-hours"), _("Billed hours"),
        _("Hours of warranty and contract"), _("Lost hours"), _("Without a price"),
    ]  # fmt: skip
    return Written(_("What it earned"), headings, lambda: _cells(rows))


def _cells(rows: Sequence[Row]) -> Iterator[list[Cell]]:
    for row in rows:
        quoted: Cell = "" if row.quoted is None else number(row.quoted)
        hours = (row.spent_h, row.billed_h, row.free_h, row.lost_h)
        yield [
            row.group,
            row.currency,
            quoted,
            *(number(money) for money in (row.spent, row.billed, row.unbilled)),
            *(number(round(each, 2)) for each in hours),
            row.not_priced,
        ]
