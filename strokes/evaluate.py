"""The old name of `python -m strokes.evaluation`, for one version."""

import runpy

if __name__ == "__main__":
    runpy.run_module("strokes.evaluation", run_name="__main__", alter_sys=True)
