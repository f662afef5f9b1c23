"""What is said when something that the program remembers can't be kept or fetched."""

from __future__ import annotations

CANNOT_READ = "{path} cannot be read ({why}): check its permissions and the disk"
CANNOT_WRITE = "{path} cannot be written ({why}): check the disk and the folder's permissions; what was there stays"
CANNOT_SET_ASIDE = "{path} is damaged and cannot be set aside ({why}): rename it by hand"
SET_ASIDE = "{path} could not be understood ({why}); it was set aside as {aside}, and nothing of it is lost."
NEWER = "{path} was written by a newer version of this program: use that one, or rename the file to begin anew"
LINES_LEFT_OUT = "{path} has lines that could not be understood and are left out here (line {numbers})."
NOT_JSON = "it is not JSON"
NOT_OURS = "it is not a file of this program"
