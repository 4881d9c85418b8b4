"""The live page: a job's page in a browser on this machine, made anew whenever one of its files is saved.

`serving.Live` runs it; `coilwright[live]` installs what it needs. Loopback only, nothing but GET, no file of the disk.
"""
