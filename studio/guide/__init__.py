"""How to do each job of the studio, a page a task, linked from the pages where it is needed."""
