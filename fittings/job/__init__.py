"""A whole job: a file that names components, ports and lines, planned into hoses, parts, a bill and a sheet.

Begin at `plan.plan`: it goes through what follows, in this order. Every module is named here.

From the file to a job
    template        the commented file to start from
    quantities      its values: pressures, lengths, ends, kinds of hose and oil
    model           the job as data: system, components with their ports, lines, limits
    reading         the text read into a job, or every mistake in it at once
    mistakes        how a mistake is told
    toml_lines      on which line of the text it stands
    written_job     a job as tables again, as a saved plan holds it

What ports and components do
    port_names      what the name of a port says: drain, tank, work, pilot
    kinds           what a component can shut, hold, store, divide or reduce
    cylinder_ends   which end of a cylinder a port is, and which ends are fed
    between         what stands between a cylinder and its valve
    open_ports      ports without a line: which must breathe, which a plug may shut
    port_metal      what a body that is not of steel leaves of a joint at its port

What each line must carry and hold
    stream          where its oil goes on: through blocks and filters, to a valve, to the tank
    shares          how flow divides: behind a tee, a divider, beside a brake
    demands         flow and pressure of every line
    wrong_kind      lines that are not what they are called; what can shut a return, a drain, a suction
    rod_sides       what presses on a work line beside the pump: a side of a cylinder that is shut, a load on its oil
    check_valves    which way round a check valve stands
    regeneration    a valve that leads the oil of a rod end into the cap end
    from_job        what follows from the job alone, as plain tuples
    back_pressure   what the lines to the tank hold back when the oil is cold
    cold_way        what all lines on the way of one oil take at a cold start, for each cylinder and motor

One hose
    ask             what is asked: two ports, and what goes between them
    hand            what is at hand to make it from
    which_hose      the hoses that serve
    ends_of_hose    from the hose to one port: the crimped end, the adapters behind it
    both_ends       two of those ways that go together
    one_hose        the line: hose, length, parts, and what every joint needs
    drop            what it loses, hot and cold
    room            room above a port, for the parts and the bend of the hose
    around_port     room beside a port, for hexagon and spanner
    hexagons        whether a printed hexagon is that of the whole part

A line that splits
    split           the tee, and a hose to each port behind it
    tee_outlets     which leg hangs on the run and which on the branch

A shelf
    from_shelf      ends and tees over all lines together, so that the least is bought

The whole job
    plan            all of it
    whole_circuit   what no single line shows: open ports, blocked returns, loads that hang on oil
    inside          what a component asks for by what it is inside: accumulators, dividers, checks
    series          motors and cylinders one behind the other
    seats           what sits on a port itself, no hose between
    dead_ends       ports without a line that stand under pressure
    cylinders       force, speed and volumes of each cylinder
    margins         what is left between the relief setting and the weakest line
    cylinder_fit    whether a cylinder fits between its pins
    rubber          what the seal rings are made of

What comes out
    result          the plan as plain tuples
    bill            what to buy
    assembly        in which order it is put together
    shop_words      the words of the bill and of the steps
    flange          a four-bolt flange, as it is bought and drawn down

The second opinion on a saved plan, by modules that did not make it
    recheck         all of it
    saved_plan      the file, gone through line by line
    check_job       lines, pressures, flows, findings and cylinders against the job that is written in it
    check_joints    ratings and torques of every joint, by the parts that it joins
    written         words, verdicts and seals against the tables
    check_figures   flows, lengths, drops and cylinders, worked out again
    check_bill      the bill, counted again
    check_steps     the steps, gone through as at the bench
"""
