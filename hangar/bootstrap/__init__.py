"""Starting: make .venv, install the locked packages, look for system libraries. Standard library only.

Nothing here may import a package from outside the standard library before start.main has entered .venv:
on a first start there is none.
"""
