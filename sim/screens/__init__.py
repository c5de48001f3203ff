"""The screens of the app: one file each; the only place that imports streamlit."""
