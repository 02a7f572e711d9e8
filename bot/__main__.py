"""`python -m bot` is `ninebark`."""

import sys

from bot.cli import main

sys.exit(main())
