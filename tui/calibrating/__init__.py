"""The kinds of `strandbench calibrate`: what each asks, takes, judges and keeps."""
