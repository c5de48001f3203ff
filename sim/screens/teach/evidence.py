"""Evidence: every check against something outside, what nobody has measured first."""

from __future__ import annotations

import streamlit as st

from sim.evidence.nothing import UNMEASURED
from sim.evidence.row import Compared
from sim.evidence.table import Evidence, evidence
from sim.screens.teach import large_type as screen
from sim.tell.evidence import figure, in_one_line, told

ALL = "all of them"


@st.cache_resource(show_spinner="working the checks out ...")  # type: ignore[untyped-decorator]
def _held() -> Evidence:
    return evidence()


def show() -> None:
    """What has no evidence, what does not hold, then every check of the law chosen."""
    screen.head("What it rests on: evidence")
    held: Evidence = _held()
    st.write(in_one_line(held).split("; nobody")[0] + ".")
    st.subheader("Nobody has measured")
    for one in UNMEASURED:
        st.markdown(f"- {one.what} ({one.law}); it takes {one.closed_by}")
    st.write(f"Only mathematics stands behind: {', '.join(held.only_mathematics)}.")
    st.subheader("Does not hold")
    for miss in held.missing:
        st.markdown(f"- **{miss.row.law}**: {told(miss)} {miss.row.known_miss.capitalize()}.")
    st.subheader("Every check")
    law = st.selectbox("Of which law", [ALL, *held.laws], key="evidence law")
    rows = held.rows if law == ALL else held.of(law)
    st.dataframe([_line(one) for one in rows], width="stretch", hide_index=True)


def _line(one: Compared) -> dict[str, str]:
    """A check as a line of the table: where several values were published the one farthest off."""
    row, k = one.row, one.worst
    return {
        "law": row.law,
        "holds": "yes" if one.holds else "no",
        "quantity": row.quantity,
        "published": figure(row.published[k]),
        "ours": figure(one.ours[k]),
        "off": figure(one.differences[k]),
        "may be off": figure(one.allowed[k]),
        "unit": row.unit,
        "source": row.source.name,
        "kind": row.source.kind,
    }
