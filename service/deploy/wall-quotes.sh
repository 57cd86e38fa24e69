#!/bin/sh
# The service's commands with its settings and as its user: wall-quotes keys list
set -eu
umask 077
set -a
. /etc/wall-quotes.conf
set +a
cd /var/lib/wall-quotes
exec runuser -u wall-quotes -- /opt/wall-quotes/bin/python -m service "$@"
