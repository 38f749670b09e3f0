#!/usr/bin/env bash
# The layer rule holds, and its check finds what it should.
.ci/layers.sh --self-test && .ci/layers.sh
