"""`python -m bot` is `ninebark`."""

import sys

from bot.cli.main import main

sys.exit(main())
