"""Every page of the bench with the worked example on it."""

from __future__ import annotations

PLACES = (
    "/", "/?words=salmon", "/dishes/new", "/dishes/salmon", "/dishes/lentils?phase=maintenance",
    "/dishes/salmon/history", "/dishes/salmon/why/fructan", "/dishes/lentils/why/total", "/plates/new",
    "/plates/supper", "/plates/supper?phase=maintenance", "/plates/supper/history", "/plates/supper/why/gos", "/foods",
    "/foods?words=dill", "/foods?words=nothing+of+that+name", "/foods/garlic/raw", "/figures", "/sources",
    "/sources/muir2007", "/keep", "/keep/check", "/api", "/sign-in",
)  # fmt: skip
