"""How each order of the strip between two tasks is kept between joints, parts and jobs.

One line an edge of the scenario: the tasks, what of the earlier one must be done, what of the
later one waits for it. Each pair becomes a *before*, with the scenario's reason, unless joints
and obstructions imply it already. ``=`` says that the edge is kept in another way, or given up.
"""

STRIP = """
T001>T002 | T001 | T002
T001>T003 | T001 | T003
T001>T005 | T001 | T005
T001>T006 | T001 | T006
T001>T008 | T001 | T008
T001>T010 | T001 | J001
T001>T011 | T001 | J002
T001>T013 | T001 | J006
T001>T014 | T001 | J007
T001>T016 | T001 | J030
T001>T021 | T001 | J025
T001>T023 | T001 | J034
T001>T040 | T001 | J054 J055
T001>T044 | T001 | J069
T001>T058 | T001 | T058
T002>T004 | T002 | T004
T002>T012 | T002 | W01 W02 W03 W04 W05 W06
T002>T015 | T002 | W32 W33 W34 W35 W36 W37
T002>T023 | T002 | W23
T002>T024 | T002 | W18 W19 W20 W21 J033
T002>T026 | T002 | W17
T002>T036 | T002 | W10
T002>T037 | T002 | W08 W09
T002>T038 | T002 | L18-b
T003>T032 | T003 | J071 J072 J073 J078 L16-b
T004>T034 | T004 | L10-a L10-b
T004>T035 | T004 | L09-b J060
T004>T052 | W38 W39 | BS19
T004>T054 | T004 L09-a W38 W39 | J075
T005>T024 | L17-b | J033
T005>T046 | T005 | T046
T006>T044 | T006 | J070
T008>T045 | T008 | L08-a L08-b L08H-b
T008>T056 | T008 | L01-a L01-b
T008>T062 | T008 | L02-a L02-b L03-a L03-b L04L-b L04R-b L05-a L05-b L06-b
T008>T062 | T008 | L07L-a L07L-b L07R-a L07R-b
T010>T012 | BS02 | J004 J005
T010>T026 | BS02 | J038
T010>T030 | BS02 | J009 J010
T010>T032 | BS02 | J015 J071 J072 J073 J078
T010>T033 | BS02 | J050
T010>T036 | BS02 | J057
T010>T037 | BS02 | J058 J079
T011>T012 | BS09 | J003
T011>T060 | BS09 | BS01
T012>T030 | BS08 BS11 | J009 J010
T012>T032 | BS08 | J015
T012>T050 | W01 W02 W03 W04 W05 W06 | L21-c1
T013>T054 | BS10 | J075
T013>T060 | BS10 | BS01
T014>T015 | BS03 | J008
T014>T055 | BS03 | J076
T015>T052 | W32 W33 W34 W35 W36 W37 | BS19
T016>T017 | BS13 | J031
T016>T018 | BS13 | BS15
T016>T019 | BS13 | J024
T016>T058 | BS13 | T058
T017>T018 | BS14 | J032
T017>T022 | BS14 | J026
T017>T059 | BS14 | J080
T018>T027 | BS15 | J035
T018>T028 | BS15 | J039
T018>T029 | BS15 | J040
T018>T052 | BS15 | J047
T018>T058 | BS15 | T058
T018>T059 | BS15 | J080
T019>T020 | BS17 | J020 J021 J022 J023
T019>T058 | BS17 | T058
T020>T059 | BS05FL BS05FR BS05RL BS05RR | J080
T021>T024 | BS06 | J033
T021>T059 | BS06 | J080
T022>T059 | BS07 | J080
T023>T024 | ST06 | BS16
T023>T027 | ST06 | J035
T024>T025 | BS16 | J037
T024>T027 | BS16 | J035
T024>T028 | L13-a | L13-c1
T024>T051 | W18 W19 W20 W21 | BS18
T025>T051 | EB17 | J046
T026>T021 | EB22 | J025
T026>T051 | W17 | BS18
T027>T051 | ST05 | J046
T027>T053 | ST05 | J041
T027>T057 | ST05 | T057
T028>T046 | BS21 | T046
T028>T057 | L13 | T057
T029>T057 | L14-a L14-c1 | T057
T029>T063 | L14-a | L14
T030>T020 | BS04L | J020
T030>T020 | BS04R | J021
T030>T031 | BS04L BS04R | J013 J014
T030>T050 | BS04L BS04R | L21-c1
T030>T059 | BS04L BS04R | J080
T031>T046 | BS20 | T046
T032>T024 | L16-b | J033
T032>T025 | J073 | EB17
T032>T031 | EB13 | BS20
T032>T039 | EB14 | J052
T032>T043 | EB13 | J061
T032>T046 | EB13 | T046
T033>T034 | EB05 | J051
T034>T024 | L12-b | J033
T034>T035 | L10-a | EB11
T034>T036 | L26-b | EB08
T034>T039 | EB04 | J052
T034>T053 | L11-a | EB20
T035>T046 | EB11 | T046
T035>T062 | L09-b | L09
T036>T046 | EB08 | T046
T036>T050 | W10 | L22-c1
T037>T043 | J079 | EB12
T037>T050 | W08 W09 | L22-c1
T038>T046 | EB10 | T046
T039>T042 | EB06 | J053
T040>T038 | = any of: front pipe or tunnel cover (obstruction of J059)
T040>T041 | J055 | TR02
T040>T042 | J054 | EB07
T040>T045 | = any of: front pipe or tunnel cover (obstruction of J068)
T041>T044 | TR02 | J069
T041>T060 | TR02 | BS01
T042>T046 | EB07 | T046
T043>T046 | EB12 | T046
T044>T046 | TR03 | T046 T046C
T045>T046 | EB21 | T046
T045>T053 | L08-a | EB19
T046>T047 | T046 CH03 | J062 J063
T047>T048 | = given up: the gearbox may also come off from below; harder after
T047>T056 | EB01 | L01-a L01-b
T048>T049 | J064 | J065
T049>T060 | EB01 | BS01
T049>T064 | EB01 | T064
T050>T031 | L21-c2 W07 | BS20
T050>T046 | L22-c1 EB16 | T046
T050>T051 | L21-c1 L21-c2 L22-c1 W07 W11 W12 W13 W14 W15 W16 | BS18
T051>T052 | W22 | BS19
T052>T057 | BS19 BS18 | T057
T053>T057 | EB20 | T057
T054>T057 | BT01 | T057
T054>T059 | BT01 | J080
T055>T054 | = any of: spare wheel or silencer (obstruction of J075)
T056>T053 | L01-a | EB18
T056>T057 | L01 | T057
T057>T059 | T057 | J080
T058>T020 | T058 | J020 J021 J022 J023
T058>T059 | T058 | J080
T059>T060 | J080 | BS01
T060>T061 | BS01 | J081
T060>T062 | BS01 | L05-c1 L09-c1
T060>T062 | = the other pipes and hoses are reached with the body on too: harder after
T060>T063 | BS01 | L14-c2 L14-b
T060>T063 | = the cross cables are reached from below too, more slowly: harder after
T061>T064 | BS22 | T064
T062>T064 | L02 L03 L04L L04R L05 L06 L07L L07R L09 | T064
T063>T064 | L14 L15 L15R | T064
T064>T065 | T064 | T065
T064>T211 | = the goals follow one another: G3 comes after ROLLING, which asks for T064
T065>T211 | = the goals follow one another: G3 comes after ROLLING, which asks for T065
T211>T201 | = the twelve joints say where they are cracked (crack_in)
T211>T213 | = the twelve joints say where they are cracked (crack_in)
T201>T202 | WHFL | J101
T201>T202 | WHFR | J111
T201>T207 | WHRL | J121
T201>T207 | WHRR | J131
T201>T208 | = the joints of the axle are undone on stands
T201>T212 | = the drain is done level on stands
T202>T203 | FS07L | J102
T202>T203 | FS07R | J112
T203>T204 | FS06L | J108 J109 J142
T203>T204 | FS06R | J118 J119 J143
T203>T205 | FS06L | J105
T203>T205 | FS06R | J115
T204>T205 | FS04 FS08 | J103 J105 J113 J115
T204>T210 | J108 | ST04L
T204>T210 | J118 | ST04R
T205>T206 | FS03L | J104 J106 J107
T205>T206 | FS03R | J114 J116 J117
T207>T213 | RA05L | J126
T207>T213 | RA05R | J136
T212>T214 | T212 | J127 J137
T213>T214 | RA07L | J128
T213>T214 | RA07R | J138
T214>T215 | RA06L RA08L | RA04L
T214>T215 | RA06R RA08R | RA04R
T215>T208 | RA04L | J125
T215>T208 | RA04R | J135
T208>T209 | RA01 | J123 J124 J133 J134
"""

WITHIN = """
T002 | J045 L18-a | earth lead off first, then nothing can spark
T004 | L09-a W38 W39 | tank empty before it is opened
T005 | L17-b | oil out before the take-off is opened
T046C | J066 J067 | cradle jack under the gearbox tail first
T002 | W07 W11 W12 W13 W14 W15 W16 W22 W24 | circuits dead
J069 | J070 | the yoke slides out only when the flange is free
L02-b | L04L-a | pipe nut out of the hose first, the hose held by its hexagon
L04L-a | L04L-b | the caliper end turns with the hose: undone last
L03-b | L04R-a | pipe nut out of the hose first, the hose held by its hexagon
L04R-a | L04R-b | the caliper end turns with the hose: undone last
L05-b | L06-a | pipe nut out of the hose first, the hose held by its hexagon
L06-a | L06-b | the axle end turns with the hose: undone last
L08-b | L08H-a | pipe nut out of the hose first, the hose held by its hexagon
L08H-a | L08H-b | the slave end turns with the hose: undone last
"""
"""Orders inside one task of the scenario, which a finer description has to say."""

REBUILD = """
L04L-b | L04L-a | the caliper end turns with the hose: fitted first
L04L-a | L02-b | pipe nut last, the hose held by its hexagon
L04R-b | L04R-a | the caliper end turns with the hose: fitted first
L04R-a | L03-b | pipe nut last, the hose held by its hexagon
L06-b | L06-a | the axle end turns with the hose: fitted first
L06-a | L05-b | pipe nut last, the hose held by its hexagon
L08H-b | L08H-a | the slave end turns with the hose: fitted first
L08H-a | L08-b | pipe nut last, the hose held by its hexagon
J070 | J069 | the yoke goes in first, then the flange is drawn up
J031 | BS13 | room to swing the cushion in
J024 | BS13 | room to work
J032 | BS14 | rear edge of the carpet is under the cushion
J026 | BS14 | room behind the seat
J035 | BS15 | carpet covers the bulkhead plate
J025 | EB22 | wiper arms and spindles clear the rubber
J046 | ST05 | the column passes the loom clips
J041 | ST05 | room for the pedal box under the column
J052 | EB14 | hoses clear
J061 | EB13 | no room in front of the fan with the radiator in
J038 | BS02 | access from the bonnet side
J062 | BS02 | the unit is swung in with the bonnet off
J080 | BS05FL BS05FR BS05RL BS05RR | doors off for the lift
J080 | BS06 BS07 | the shell may flex until it is bolted down
J080 | BS09 BS10 | bumpers clear of the body as it comes down
J080 | TR02 | exhaust clear of the body as it comes down
J081 | BS01 | pads and packers lie on their outriggers first
J101 | WHFL | wheel covers the caliper
J111 | WHFR | wheel covers the caliper
J105 | FS04 | the damper would hold the arm
J115 | FS04 | the damper would hold the arm
J065 | J064 | the bellhousing covers the clutch
J052 J053 J054 J055 J056 J059 J060 | R109 | nothing of the engine is missing at its first start
L09-a L09-b L10-a L10-b L18-b L19-a L19-b W10 | R109 | fuel, current and earth at its first start
J002 J004 J005 J006 J008 J025 J026 J030 J031 | R110 | fit for the road
J046 J047 J033 J059 | EB15 | circuits stay dead: the battery goes in last
"""
"""Orders of the strip that hold the other way round in the rebuild and that nothing else keeps.

Obstructions turn round by themselves; what is only *before* in the
strip ("circuits dead") does not.
"""

HARDER = """
J054 | EB01 | 0.6 | with the unit out the front pipe flange is in the open
J069 J070 | BS01 | 0.6 | the shaft is in the open once the body is off
T008 | EB20 | 3.0 | no pedal left to pump the fluid through: syringe at every bleed screw
J034 | J036 | 2.5 | the column has nothing to react against once it is loose
J006 | BS01 | 1.4 | the chassis end moves when the bar is leaned on; hold it on stands
J047 | BS01 | 2.0 | the sill grommet is hard to reach with the shell on the trolley
J105 J115 | EB01 | 1.8 | without the engine's mass the frame lifts first: tie-down needed
L02-a L02-b L02-c1 L03-a L03-b L03-c1 | BS01 | 0.5 | all in the open once the body is off
L04L-a L04L-b L04R-a L04R-b L06-a L06-b | BS01 | 0.5 | all in the open once the body is off
L07L-a L07L-b L07L-c1 L07R-a L07R-b L07R-c1 | BS01 | 0.5 | all in the open once the body is off
L15-a L15-b L15-c1 L15R-a L15R-b L15R-c1 | BS01 | 0.6 | in the open once the body is off
J055 | J054 | 1.5 | the pipe swings and gives the clamp nothing to turn against
J079 | J058 | 0.5 | the belt is slack once the dynamo is loose
J036 | EB01 | 0.6 | the coupling is in plain view from the empty bay
L13-b | BS21 | 0.5 | in plain view through the tunnel opening; otherwise by feel
L18-b | TR01 | 0.6 | the front pipe is out of the way of the spanner
J064 | EB01 | 0.5 | on the floor every bolt of the bellhousing is in reach
"""
"""What gets harder, or easier, once something else is done."""
