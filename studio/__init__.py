"""The project and its pages."""

import sys

try:
    import pysqlite3
except ImportError:
    pass  # the environment is still to be made, or nobody builds one for this kind of machine
else:
    # Django's backend takes whatever goes by this name, and what the system brings rarely has the repair of WAL
    sys.modules["sqlite3"], sys.modules["sqlite3.dbapi2"] = pysqlite3, pysqlite3.dbapi2
