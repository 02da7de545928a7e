#!/bin/sh
# Print the path of a Python that the project runs on, or say in plain words what is missing.
# PYTHON=/path/to/python3.12 names one; otherwise python3 and the versioned names are tried in turn.
allowed="3.11, 3.12, 3.13 or 3.14"
seen=""
for candidate in ${PYTHON:-python3 python3.14 python3.13 python3.12 python3.11 python}; do
    path=$(command -v "$candidate" 2>/dev/null) || continue
    version=$("$path" -c 'import sys; print("%d.%d" % sys.version_info[:2])' 2>/dev/null) || continue
    case "$version" in
        3.11 | 3.12 | 3.13 | 3.14)
            echo "$path"
            exit 0
            ;;
        *) seen="$seen $candidate is Python $version;" ;;
    esac
done
{
    if [ -n "$seen" ]; then
        echo "Bluestem needs Python $allowed, and found none of these:${seen%;}."
    elif [ -n "${PYTHON:-}" ]; then
        echo "Bluestem needs Python $allowed, but PYTHON=$PYTHON does not run."
    else
        echo "Bluestem needs Python $allowed, and no Python was found on this machine."
    fi
    echo "Install one of them (for example: apt-get install python3 python3-venv), or name it: make PYTHON=/path/to/python3.12 demo"
} >&2
exit 1
