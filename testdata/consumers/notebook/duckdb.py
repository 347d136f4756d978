"""A stand-in for DuckDB's Python package, which Debian does not have: the notebook
and the README call duckdb.sql(TEXT).df(), and this puts the text to DuckDB through
its package for Node.js, beside this folder. It is for the checks alone."""

import json
import pathlib
import subprocess

import pandas

ASK = pathlib.Path(__file__).with_name("ask.mjs")


class Relation:
    def __init__(self, rows):
        self.rows = rows

    def df(self):
        return pandas.DataFrame(self.rows)


def sql(text):
    answer = subprocess.run(["node", ASK], input=text, capture_output=True, text=True)
    if answer.returncode != 0:
        raise RuntimeError(answer.stderr)
    return Relation(json.loads(answer.stdout))
