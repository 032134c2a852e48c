"""The scripts that asked other programs are run by hand or by their own job, not collected."""

collect_ignore_glob = ["*/make.py"]
