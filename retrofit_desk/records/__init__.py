"""The record: models, the project folder, units of work, history, backups, the papers store.

A project is a folder `NAME.retrofit/` with `project.sqlite`, `papers/` (files by
content hash) and `backups/`.

    project = Project.create(folder)                # or Project.open(folder, read_only=False)
    with project.session() as session:              # reading only; a write is refused
        rooms = session.scalars(select(models.Room)).all()
    with project.action("Sign the quote") as work:  # one transaction, one history line, one undo step
        work.session.add(...)
        filed = work.file(path)                     # bytes into papers/, gone again if the action fails
    project.undo(); project.redo(); project.history(); project.undo_title
    project.on_change(callback)                     # callback(frozenset of table names) after a commit
    with project.outside_history() as work: ...     # only tables with `in_history = False`
    past = project.as_of(moment)                    # a read-only Project as it stood then

A quantity that may be missing is a pair of columns: `cost_cents` beside `cost_is`. Setting a value makes its
word "known"; taking it away makes it what that table says of none ("unknown", in a quote "not stated"); any
other word is set beside it, or both at once with `row.set_stated("cost_cents", StatedValue(...))`. Read them
with `row.stated("cost_cents")`. The database refuses a value that disagrees with its word.
"""
