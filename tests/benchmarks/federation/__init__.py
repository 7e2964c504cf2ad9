"""A federation of any size, made from one seed: its people, airframes, histories under true seals, and what is logged.

It stands beside the tests and is no command of the site: it writes past every operation and past the rule that a
revision is recorded one at a time with its checks, which nothing that a club runs may do, and it fills a site with
invented people. `verify_history` holds what it made against all that it skipped.
"""
