"""The table of scenarios in firmware_sim/README.md is the one that their record gives."""

import subprocess
import sys

if __name__ == "__main__":
    sys.exit(subprocess.run([sys.executable, "tools/disturbance_table.py", "--check"]).returncode)
