"""How long a test waits for something that will come: so long that only what never comes is given up.

How busy a machine is must fail no test. Nothing is slower for it: who waits goes on as soon as it is there.
"""

PATIENCE_S = 300
