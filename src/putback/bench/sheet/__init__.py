"""Sheet metal: gauges, the weight of a panel, the size of a repair and what welding it takes."""
