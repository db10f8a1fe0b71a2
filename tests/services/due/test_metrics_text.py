"""The text of numbers. Source: exposition format 0.0.4, from memory."""

from faults.due.services.metrics_text import as_text, metric, metric_by


def test_marks_in_a_label_are_escaped() -> None:
    odd = metric_by("round", "a", 'says "so"\nand \\', {'b"\n\\': 1.5, "c": 2})
    assert as_text([odd]) == (
        '# HELP a says "so"\\nand \\\\\n# TYPE a gauge\n'
        'a{round="b\\"\\n\\\\"} 1.5\na{round="c"} 2\n'
    )


def test_what_is_not_known_is_left_out_and_nothing_is_0() -> None:
    told = [metric("gone", "Not known.", None), metric("none", "None.", 0), metric("a", "A.", 1)]
    assert as_text(told) == (
        "# HELP none None.\n# TYPE none gauge\nnone 0\n# HELP a A.\n# TYPE a gauge\na 1\n"
    )
    assert as_text([]) == ""
