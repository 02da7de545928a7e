# One image for the web server, the worker, the clock and the migration (docker-compose.yml).
FROM python:3.11-slim

ENV PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1
WORKDIR /srv/bluestem

COPY requirements.lock.txt .
RUN pip install --no-cache-dir --require-hashes -r requirements.lock.txt

COPY . .
# The key lives for these two commands only; BLUESTEM_SECRET_KEY of compose.env is the real one.
RUN BLUESTEM_SECRET_KEY="$(head -c 48 /dev/urandom | base64)" \
    sh -c "mkdir -p .build/static && python manage.py build_charts && python manage.py collectstatic --noinput --verbosity 0"

RUN useradd --system --uid 10001 --no-create-home bluestem && mkdir -p var/media && chown -R bluestem var
USER bluestem
EXPOSE 8000
CMD ["gunicorn", "config.wsgi:application", "--bind", "0.0.0.0:8000", "--workers", "2", "--threads", "4", \
     "--worker-tmp-dir", "/dev/shm", "--no-control-socket"]
