"""check.py README NOTEBOOK FOLDER: the README's and the notebook's SQL are the
queries that the readers' check asks; both are run in FOLDER, where the dataset's
study, soak.json and the program are, and must find what the readers found.

Needs Debian's nbconvert, ipykernel, pandas and matplotlib, and ask.mjs."""

import base64
import json
import pathlib
import re
import shutil
import sys

import nbformat
import pandas
from nbconvert.preprocessors import ExecutePreprocessor

QUERIES = pathlib.Path(__file__).parent.parent / "parquet" / "queries"
COLUMNS = ["thickness_mm", "fans_rpm", "soak_min"]


def fail(text):
    raise SystemExit("FAILED " + text)


def queries():
    return {file.stem: file.read_text().strip() for file in QUERIES.glob("*.sql")}


def check_answer(where, frame, want):
    pandas.testing.assert_frame_equal(frame[COLUMNS], want[COLUMNS], check_exact=True)
    if frame["soak_min"].isna().sum() == 0:
        fail(f"{where}: no null was read")
    print(f"{where}: {len(frame)} rows")


def check_readme(text, want):
    sql = re.findall(r"```sql\n(.*?)\n```", text, re.S)
    for name, query in queries().items():
        if query not in sql:
            fail(f"README.md has no sql block that is {name}.sql")
    snippets = [s for s in re.findall(r"```python\n(.*?)\n```", text, re.S) if s.startswith("import duckdb\n")]
    if len(snippets) != 1 or queries()["soak"] not in snippets[0]:
        fail("README.md: want one snippet for pandas with the text of soak.sql in it")
    names = {}
    exec(compile(snippets[0], "README.md", "exec"), names)
    check_answer("README, pandas", names["soak"], want)


def check_notebook(file, want):
    notebook = nbformat.read(file, as_version=nbformat.NO_CONVERT)
    nbformat.validate(notebook)
    code = [c for c in notebook.cells if c.cell_type == "code"]
    if any(c.outputs or c.execution_count for c in code):
        fail(f"{file.name} holds outputs; strip them")
    asked = [q.strip() for c in code for q in re.findall(r'duckdb\.sql\("""(.*?)"""\)', c.source, re.S)]
    if sorted(asked) != sorted(queries().values()):
        fail(f"{file.name}: its SQL is not that of {QUERIES}")
    keep = 'soak.to_json("notebook.json", orient="records", double_precision=15)'
    notebook.cells.append(nbformat.v4.new_code_cell(keep))
    shutil.rmtree("thickness_and_speed")  # the notebook makes it
    ExecutePreprocessor(timeout=300).preprocess(notebook, {"metadata": {"path": "."}})
    outputs = [o for c in notebook.cells if c.cell_type == "code" for o in c.outputs]
    pictures = [base64.b64decode(o["data"]["image/png"]) for o in outputs if "image/png" in o.get("data", {})]
    if len(pictures) != 1 or len(pictures[0]) < 5000:
        fail(f"{file.name}: {len(pictures)} plots, want one that is not empty")
    pathlib.Path("plot.png").write_bytes(pictures[0])
    frame = pandas.DataFrame(json.loads(pathlib.Path("notebook.json").read_text()))
    pandas.testing.assert_frame_equal(frame[COLUMNS], want[COLUMNS], rtol=1e-12)
    print(f"{file.name}: {len(code)} cells, {len(frame)} rows, one plot of {len(pictures[0])} bytes")


def main():
    readme, notebook = (pathlib.Path(a) for a in sys.argv[1:3])
    want = pandas.DataFrame(json.loads(pathlib.Path("soak.json").read_text()))
    check_readme(readme.read_text(), want)
    check_notebook(notebook, want)


main()
