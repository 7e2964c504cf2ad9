"""The entry point for a WSGI server: `gunicorn --no-control-socket hangar.wsgi`."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
application = get_wsgi_application()
