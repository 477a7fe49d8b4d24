"""How the tables of an empty book are made."""

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations import Migration
from django.db.migrations.state import ProjectState


class FirstTables(Migration):
    """
    The tables of an app, whole and together: each is made by one `CreateModel`, behind those that it points at.

    Django by itself makes all models anew for each table and each constraint, and the time goes by their square.
    """

    def apply(
        self, project_state: ProjectState, schema_editor: BaseDatabaseSchemaEditor, collect_sql: bool = False
    ) -> ProjectState:
        vars(project_state).pop("apps", None)  # what is not there is not kept up with each table
        before = project_state.clone()
        for operation in self.operations:
            operation.state_forwards(self.app_label, project_state)
        for operation in self.operations:
            operation.database_forwards(self.app_label, schema_editor, before, project_state)
        return project_state
