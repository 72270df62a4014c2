"""One engine that turns HTML into PDF, in a process of its own, and the designs of the pages.

Takes frozen records (`records`), never database models, and knows no Flask. Importing it is cheap: WeasyPrint and its
native libraries are loaded by the worker process only.
"""
