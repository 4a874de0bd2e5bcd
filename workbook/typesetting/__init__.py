"""Words on a page: fonts, measuring, lines, text direction."""

import sys
from types import ModuleType

try:
    import reportlab.rl_config  # noqa: F401
except OSError:  # it looks for changes to itself in the user's home, which may be no folder
    sys.modules |= {name: ModuleType(name) for name in ("reportlab_mods", "reportlab_settings")}
