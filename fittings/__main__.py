from fittings.cli import main

main()
