"""The database: tables, repositories behind the service's ports, migrations.

Nothing but the composition root (`app`, `cli`) imports this package.
"""
