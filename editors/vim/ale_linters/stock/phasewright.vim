call phasewright#ale#Define('stock')
