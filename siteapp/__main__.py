"""`python3 -m siteapp`: standard library only, in syntax that an old Python can read far enough to be told so."""

import sys

from siteapp import bootstrap

if __name__ == "__main__":
    sys.exit(bootstrap.main(sys.argv[1:]))
