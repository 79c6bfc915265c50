"""What is done about people after the answer went out."""

from django_tasks import task

from studio.people import services


@task(priority=50)
def mail_new_password_link(said: str, address: str) -> bool:
    """Mail a link to whoever is meant. Here, not in the request: how long it takes would tell who is of the studio."""
    return services.send_new_password_link(said, address)
