"""What the sample house is made from: its story files read, its papers and photos drawn."""
