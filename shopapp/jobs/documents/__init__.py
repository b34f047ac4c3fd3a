"""Papers of quotes and jobs: facts are gathered, put on a template, printed by a worker.

`facts` gathers what a paper shows (a fixed number of queries) and says whether that has changed;
`making.render` is the worker's work; `files` keeps and opens the finished file.
"""
