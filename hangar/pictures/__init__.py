"""Pictures of surfaces and responses as SVG, the same on a page and on paper.

Nothing here knows a model of the database: a picture is made from a setup document and from numbers that
`mixing` computed. Every picture is one `<svg>` string with a title for those who do not see it.
"""
