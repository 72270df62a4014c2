"""The application for any WSGI server with several workers: `wsgi:app`. Settings come from the environment."""

from siteapp.app import create_app
from siteapp.config import Settings

app = create_app(Settings.from_env())
