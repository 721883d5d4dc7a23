"""A whole job: a file that names components, ports and lines, planned into hoses, parts, a bill and a sheet."""
