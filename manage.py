#!/usr/bin/env python3
"""Start everything: the demo, the tests, the site and Django's own commands.

This file keeps to what every Python can read, so that an old one is told what is needed instead of
failing on the code behind it. What happens next is in hangar/bootstrap/start.py.
"""

import os
import sys

if sys.version_info < (3, 11):
    sys.stderr.write(
        "Hingeline needs Python 3.11 or newer and this is Python %d.%d: start it with a newer one, "
        "for example: python3.11 manage.py\n" % (sys.version_info[0], sys.version_info[1])
    )
    sys.exit(1)

if __name__ == "__main__":
    from hangar.bootstrap import start

    sys.exit(start.main(sys.argv, top=os.path.dirname(os.path.abspath(__file__))))
