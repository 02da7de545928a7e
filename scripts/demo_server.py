"""How gunicorn serves the demo, and what it says once it does."""

workers = 2
threads = 4
timeout = 60
loglevel = "warning"
control_socket_disable = True
