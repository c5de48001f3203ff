"""The teaching screens by themselves, for the browser tests: `streamlit run
tests/browser/teach.py`.
"""

import streamlit as st

from sim.screens.teach import guess_then_see, overlap_bench, words


def main() -> None:
    """A page for each screen."""
    st.set_page_config(page_title="Teach", layout="wide")
    pages = [
        st.Page(overlap_bench.show, title="Overlap bench", url_path="bench", default=True),
        st.Page(guess_then_see.show, title="Guess, then see", url_path="exercises"),
        st.Page(words.show, title="Words", url_path="glossary"),
    ]
    st.navigation(pages).run()


if __name__ == "__main__":
    main()
