"""Orders of the rebuild: what must be done before each step, and before what it must be done.

A task of the strip that a refit step comes after means here: its joints are made again. The
scenario's own list of orders that the strip does not give is at the end.
"""

STEPS = """
S321 | R202
R202 | R203
R203 | R204
R204 | R201
R201 | R205
J127 J128 J137 J138 | R210
J102 J112 | R211
J121 J131 | R212
J144 J146 | R213
J058 J061 J079 | R214
R103 | R215
J045 J057 L18-a | R218
R210 | R219
R205 | R220
J065 | R221
L02-a L02-b L03-a L03-b L04L-a L04L-b L04R-a L04R-b L05-a L05-b | R101
L06-a L06-b L07L-a L07L-b L07R-a L07R-b L09-c1 | R101
J104 J106 J107 J114 J116 J117 | R222
R101 J101 J111 J125 J135 J150 | R225
J062 J063 J075 J080 J100 J110 J120 J130 R225 | R104
R104 | R105
R104 J062 J066 J067 J100 J110 J120 J126 J130 J136 | R227
R104 J020 J021 J022 J023 J080 | R102
R102 J001 J007 J009 J010 J011 J012 J013 J014 | R226
J041 J042 J043 L01-a L01-b R101 R212 R220 | R103
R105 J040 J108 J118 L14-a R212 R213 | R106
R105 R102 R226 R227 R103 R106 J034 J035 J036 R210 R211 | R107
R103 | R108
R107 R108 R214 R215 R218 R221 J045 J051 J071 J072 J073 J078 L17-b | R109
R109 | R223
R223 | R110
R110 | R224
"""
"""What each refit step comes after. The fills of R109 follow from the fluids."""

TASKS_MEANT = {
    "R210": ("T214",),
    "R211": ("T203",),
    "R212": ("T207",),
    "R213": ("T210",),
    "R214": ("T037", "T043"),
    "R218": ("T036", "T002"),
    "R221": ("T049",),
    "R101": ("T062",),
    "R222": ("T206",),
    "R225": ("T062", "T202", "T208"),
    "R104": ("T047", "T054", "T059", "T201"),
    "R227": ("T211", "T046"),
    "R102": ("T020", "T060", "T059"),
    "R226": ("T030", "T031", "T010", "T014"),
    "R103": ("T053", "T056"),
    "R106": ("T029",),
    "R107": ("T027", "T023", "T211"),
    "R109": ("T002", "T032", "T034", "T005", "T006", "T003"),
}
"""The tasks that each line of `STEPS` stands for; a test compares them with the scenario."""

MUST_PRECEDE = """
R101>T060 | R101 | BS01
T052>T018 | J047 | BS15
T060>R102 | J080 | R102
R104>R102 | R104 | R102
R102>T030 | R102 | BS04L BS04R
R102>T019 | R102 | BS17
R205>T208 | = R205 names the parts
R205>T206 | = R205 names the parts
R205>T210 | = R205 names the parts
R210>T213 | R210 | J126 J136
R220>T053 | R220 | EB18 EB19
R222>T205 | R222 | FS03L FS03R
T202>T062 | FS07L | L04L-b
T202>T062 | FS07R | L04R-b
T215>T062 | RA04L | L07L-b
T215>T062 | RA04R | L07R-b
T208>T062 | RA01 | L06-b L07L-a L07R-a
T208>T063 | RA01 | L14-b L15-a L15R-a
T215>T063 | RA04L | L15-b
T215>T063 | RA04R | L15R-b
T208>T044 | RA01 | J069
T210>T027 | ST01 | J036
T060>T031 | BS01 | J014
R211>T202 | R211 | J101 J111
R221>T047 | R221 | J062
"""
"""The scenario's orders that the strip alone does not give, one line each."""

AFTER_PREPARING = "RA01 FS01L FS01R FS02L FS02R FS05L FS05R ST03 ST04L ST04R"
"""Parts that the scenario puts after R205 and that do not sit on the frame itself.

A job that prepares is done before the parts it names go on, and R205 names every part that is
fixed to the frame or its crossmember: nothing is fitted until threads, blind holes and earth
points are ready.
"""
