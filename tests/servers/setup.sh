#!/bin/sh
# setup.sh: makes target/servers, a Python environment for the independent clients.
set -e
cd "$(dirname "$0")/../.."
python3 -m venv target/servers
target/servers/bin/pip install --quiet --requirement tests/servers/requirements.txt
