"""The order to open a pump with the tools to hand: operations, their ways, costs and cautions."""
