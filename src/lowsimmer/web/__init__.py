"""The bench in a browser: pages for people and an API for scripts, on the practitioner's own machine.

serve       starting the server
settings    how this server runs
guard/      what stands before every page: hosts, origins, limits, headers, sign-in, log
kitchen     kept dishes and plates opened and assessed
answers     what is answered while a dish is written
pages/      one module a page; templates/ and static/ beside it
api/        the same for scripts, described by its OpenAPI
"""
